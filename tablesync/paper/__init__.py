"""Reports on paper, as PDF, and charts as PNG; needs the optional extra `paper`."""
