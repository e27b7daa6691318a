"""The desk: the coach's Sunday in a browser, on this computer alone; the same files, by the commands' own functions."""
