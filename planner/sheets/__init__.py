"""Paper for the gym floor and for the coach; knows only a week document, the library and the brief."""
