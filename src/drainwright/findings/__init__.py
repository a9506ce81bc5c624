"""The checks: small rules that judge figures, and the answers in plain words."""
