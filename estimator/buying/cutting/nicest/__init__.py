"""Among the cheapest plans the one a sawyer would choose; `nicest_plan` is the door."""
