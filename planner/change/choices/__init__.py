"""Near-equal weeks: other exercises for nearly the same dose and effort, with what each trades."""
