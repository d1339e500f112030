"""Whose is it? Research a piece whose maker is not identified: who it may be, why and why not, what to look at next."""
