"""The week: from brief, gym and library to sets per exercise and session, proven and put into words."""
