"""How each language's times are understood: one grammar a language, sharing nothing with what is said."""
