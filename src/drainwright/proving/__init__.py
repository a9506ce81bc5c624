"""After the job: what was built, measured and held against what was designed."""
