"""A key, a presenter's button, a pad's or one switch: what each asks for."""
