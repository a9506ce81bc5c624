"""Drawings and documents: everything that is handed over."""
