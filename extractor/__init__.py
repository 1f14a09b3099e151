"""A recorded spoken commentary of a catheter-based procedure in, an editable draft timeline out."""

__version__ = "0.1.0"
