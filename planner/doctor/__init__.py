"""Whether this installation works: one look a part, and a toy program through the solver."""
