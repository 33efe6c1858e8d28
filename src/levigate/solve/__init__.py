"""The solver: the smallest change of a formula that brings a quantity where it is wanted."""
