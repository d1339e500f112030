"""Research notes on dolls and their makers: claims with sources, and a chronology that tests them."""

__version__ = "0.1.0"
