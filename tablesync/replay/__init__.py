"""A game gone through again: what was entered, and what each seat could know."""
