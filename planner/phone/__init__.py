"""The phone sheet: one page a session that writes back, and the file that it saves."""
