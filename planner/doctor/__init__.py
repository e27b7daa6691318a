"""Whether this installation works: one module a part, each with one function that looks and tells."""
