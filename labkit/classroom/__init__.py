"""The course laid into folders and served, to one learner or by a hub to a class."""
