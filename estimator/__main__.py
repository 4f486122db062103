"""`python -m estimator` is the same as `estimator`."""

from estimator.cli.main import run

if __name__ == "__main__":
    run()
