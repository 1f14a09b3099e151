"""The reconciling room: sentences -> the story of the case -> events with values and doubt. Pure."""
