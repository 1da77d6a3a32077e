"""A training session on disk: from roster to feedback and report."""
