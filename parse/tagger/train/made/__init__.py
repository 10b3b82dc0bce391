"""Random printouts with exact truth; see made.py beside this folder."""
