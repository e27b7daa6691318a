"""One file a command, thin: options in, the rooms do the work, the result out."""
