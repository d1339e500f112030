"""The one family of errors that this package raises on purpose."""


class KilnmarkError(Exception):
    """Base of every error that a user can cause and mend."""
