"""What can be told of a job by forms: made from the job's model, its words beside it."""
