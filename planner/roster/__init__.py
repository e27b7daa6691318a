"""Every athlete below a folder, each planned alone: the work, and the row that each becomes."""
