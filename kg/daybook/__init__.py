"""The record: immutable entries, and the working view that follows from them."""
