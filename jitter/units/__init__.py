"""Units: read in one module (`reading`), written in one (`writing`), SI everywhere else."""
