"""The documents: what is said in each paper (blocks), and how it is set (Typst)."""
