"""After the session: loads, progression, pain, delivered dose and the weeks of a block."""
