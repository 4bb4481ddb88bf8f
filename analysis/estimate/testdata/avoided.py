# Gradient boosting on the list's own numbers, trained on the truth of other fleets, as a
# reference for the order by what a visit avoids.
#
#   python3 avoided.py folder
#
# folder/SEED.csv: what a visit truly avoids, then the numbers, a unit a line
# folder/SEED.answer, written: what the trees of all other fleets expect of each unit
#
# scikit-learn's histogram gradient boosting (Debian: python3-sklearn), a hundred trees
# of at most sixteen leaves, one seed: the same answer every time.
import glob
import sys

import numpy
from sklearn.ensemble import HistGradientBoostingRegressor

names = sorted(glob.glob(sys.argv[1] + "/*.csv"))
tables = {name: numpy.loadtxt(name, delimiter=",", ndmin=2) for name in names}
for name in names:
    learn = numpy.vstack([tables[other] for other in names if other != name])
    trees = HistGradientBoostingRegressor(max_iter=100, learning_rate=0.06, max_leaf_nodes=16, min_samples_leaf=25, l2_regularization=1.0, early_stopping=False, random_state=1)
    trees.fit(learn[:, 1:], learn[:, 0])
    numpy.savetxt(name.replace(".csv", ".answer"), trees.predict(tables[name][:, 1:]), fmt="%.6f")
