"""The chart of a game: a lane for each seat's entries, on one time axis."""
