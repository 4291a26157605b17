"""How a device gets in: invitations, proofs, grants, both ends as state machines."""
