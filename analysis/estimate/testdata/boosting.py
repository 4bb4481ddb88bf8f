# Gradient boosting on the hand-made features of past as founds, as a reference to
# hold the model's order against.
#
#   python3 boosting.py folder
#
# folder/NAME.learn.csv: outside (0 or 1), then the features, a case a line
# folder/NAME.today.csv: the features alone
# folder/NAME.answer.csv, written: one probability of standing outside a line
#
# scikit-learn's histogram gradient boosting (Debian: python3-sklearn), a hundred
# trees of at most eight leaves, one seed: the same answer every time.
import glob
import sys

import numpy
from sklearn.ensemble import HistGradientBoostingClassifier

for name in sorted(glob.glob(sys.argv[1] + "/*.learn.csv")):
    learn = numpy.loadtxt(name, delimiter=",", ndmin=2)
    today = numpy.loadtxt(name.replace(".learn.", ".today."), delimiter=",", ndmin=2)
    trees = HistGradientBoostingClassifier(max_iter=100, learning_rate=0.06, max_leaf_nodes=8, min_samples_leaf=25, l2_regularization=1.0, early_stopping=False, random_state=1)
    trees.fit(learn[:, 1:], learn[:, 0].astype(int))
    numpy.savetxt(name.replace(".learn.", ".answer."), trees.predict_proba(today)[:, 1], fmt="%.6f")
