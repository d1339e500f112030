"""What comes in (tables, bibliographies, passages, RDF) and what goes out, in open formats."""
