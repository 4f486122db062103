"""What to buy at the least cost: boards and how to cut them, lumber by volume, packs and cans."""
