"""Group tours: a shelf of foods, the amounts that a group says, and what these really hold."""
