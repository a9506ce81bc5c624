"""What the pages show of a design: pure functions from a design to frozen records. Nothing is reckoned here."""
