"""The office: the store, the people, the answers and the pages of the web app; it computes nothing."""
