"""Reports on paper, as PDF; needs the optional extra `paper`."""
