"""One gate for every file of an athlete: reading text, tables and shapes, and writing safely."""
