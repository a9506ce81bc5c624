"""Many runs: local processes or a cluster, resumable, kept as tables."""
