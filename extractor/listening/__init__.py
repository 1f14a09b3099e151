"""Sound -> words, or a transcript somebody else made -> words. Silence and noise never become words."""
