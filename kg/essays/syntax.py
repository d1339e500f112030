"""Overwritten by mistake at 02:54 by a colleague (root): the author of syntax_tree.py must write syntax.py again here.

The other version, which had `read_essay(text) -> Essay`, is thrown away; take nothing from it.
"""

raise ImportError("kg/essays/syntax.py was overwritten by mistake: its author writes it again (see its first lines)")
