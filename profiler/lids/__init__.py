"""Lids and the seats they share with their jars: from curves to frozen results."""
