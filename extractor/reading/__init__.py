"""Reading: words become statements with numbers, units, terms and a status. Pure: no clock, no disk, no print."""
