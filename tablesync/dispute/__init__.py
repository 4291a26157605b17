"""The facts of a dispute, in order and without judgement."""
