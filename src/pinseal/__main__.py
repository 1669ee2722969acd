"""`python -m pinseal` and the command `pinseal`."""

from pinseal.app import main

if __name__ == "__main__":
    main()
