"""The tests; a package of its own, so that no installed package of the same name is taken for it."""
