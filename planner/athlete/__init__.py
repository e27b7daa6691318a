"""The athlete: brief, gyms, history, evidence, log and the folder on disk."""
