"""From surface-EMG recordings to activation figures, rankings and rows of evidence."""
