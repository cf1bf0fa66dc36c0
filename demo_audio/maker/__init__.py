"""Tools of the maker of the demonstration recordings; the program itself never imports them."""
