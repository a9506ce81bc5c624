"""What done jobs teach: the plan held against what was really taken, and the price book's rates drawn towards it."""
