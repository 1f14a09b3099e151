"""The steps, in order of their numbers."""
