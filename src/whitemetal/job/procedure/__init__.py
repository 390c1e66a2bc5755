"""The procedure of a job: steps and hold points from how the bearing is built, what the plant adds, drops or
rewords, what people ticked, and what the steps need to be brought along."""
