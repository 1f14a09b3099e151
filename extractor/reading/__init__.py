"""Reading: the words of a transcript become statements with numbers, units, terms and a status. Pure: no clock, no disk."""
