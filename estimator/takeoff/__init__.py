"""How much of what: lumber, hardware, finish, consumables and the work to be done, for each build and the order."""
