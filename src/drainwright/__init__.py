"""Drainwright: from one visit's measurements to a drainage job designed, tested, priced, drawn and handed over."""

__version__ = "0.1.0"
