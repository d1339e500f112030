"""Threads: the most trustworthy routes between two things, each step with its claims and sources."""
