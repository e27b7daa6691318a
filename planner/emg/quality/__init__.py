"""Quality checks: each one small function that names what is wrong with one channel, and the second of it."""
