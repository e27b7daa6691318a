"""Reading everything an athlete's folder holds, to tell what it comes to or what is wrong with it."""
