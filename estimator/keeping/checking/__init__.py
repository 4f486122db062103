"""What looks wrong in the price tables, one module for each kind of doubt; `estimator.keeping.check` is the door."""
