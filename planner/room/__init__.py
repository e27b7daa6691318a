"""One hour, one room: who is at which station when, for athletes who train at the same time."""
