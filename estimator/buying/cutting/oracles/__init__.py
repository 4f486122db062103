"""What knows how parts fit on a board, one kind of cutting a module; all answer the questions in `pricing`.

`knapsack` parts in a row, `few_pieces` very few of them on a board, `nesting` rows whose leaning ends nest, `ripping`
boards ripped and crosscut; the other modules serve these.
"""
