"""The storm test: the system stepped through a storm and through failures, with its water balance."""
