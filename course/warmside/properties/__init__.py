"""Properties of the substances in and around an absorption refrigerator. SI throughout, vectorised."""
