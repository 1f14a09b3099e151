"""A signed case -> a folder for teaching, without what tells who it was, as far as rules find it."""
