"""Run the program: `planner` or `python -m planner`."""

from planner.cli import main

if __name__ == "__main__":
    main()
