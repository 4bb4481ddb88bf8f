package drift

// What can go wrong with the model, what is done about it, and the test that
// fails where it is not done. Tests stand in this package unless another is named.
//
// Situations
//
//   - as-found reading missing, flag "not adjusted": segment ends; the flag is
//     believed for today's state only (TestSegmentRule (c),
//     TestStatesTheRecordLeavesOpen; in estimate TestRecoveryOverFewFleets (a fifth
//     of as-found readings missing))
//   - no flag: a far as-found reading ends the segment; today's state is a mixture
//     (TestSegmentRule (d), TestShareAdjusted; in estimate threat 1b)
//   - only as-left readings: nothing fitted, 0 differences said; units still listed
//     (TestPlantedEndings, TestNothingFittedIsSaid; in estimate
//     TestWorldsThatBreakTheModel)
//   - call-outs when drifted: kept, share told, no column for them; past forecasts
//     are judged by other visits alone (in estimate TestCallOutsAreCounted,
//     TestCallOutsAreVisitsLikeOthers; TestPastsAreOfTheCalendar)
//   - one analyzer, or one a unit: bias held at 0, "not estimable"
//     (TestBiasNotEstimable, TestPlantedEndings)
//   - two to four analyzers: ratio taken, said so (TestSpreadOfFewAnalyzersIsTaken)
//   - analyzer with few readings: drawn to 0, wide posterior sd
//     (TestAnalyzerOfOneReading; sd TestAgreesWithBruteForce, TestFixedTheta)
//   - pools of analyzers that never meet: components, nothing claimed across
//     (TestComponents; in estimate TestGroupsOfAnalyzers)
//   - bias changes at calibration: second part by calibration period
//     (TestVariancesRecovered, TestEndingsAtTheBoundary; in estimate
//     TestCertificatesObserveTheEnds, TestYearsStandForCalibrations)
//   - analyzers age between calibrations: level column with its prior; held where
//     the data cannot tell (in estimate TestAgeingAnalyzers, TestTrendIsSaid;
//     TestAgeingIsHeld, TestNextInstrumentHasAged)
//   - an analyzer takes over and reads otherwise: heavy tails; named as a
//     difference; its units read again (in estimate TestLowAnalyzerIsNamed;
//     TestStepIsADifference; in watch TestAnalyzersNameADifference)
//   - a visit entered twice: dropped before the model; what slips through ends in
//     fixed ratios, said why (in judge TestFindings; TestPlantedEndings)
//   - last year's values copied: as-found reading left out of the fit (in judge
//     TestCopiedVisitsOfAFleet; their use TestFindings)
//   - typing errors: cut or removed and bridged, listed
//     (TestRemovalRestoresTheNoise, TestRoundsAfterTheSearch,
//     TestIsolatedLastReading; in estimate TestTypingErrorsDoNotFillTheTop, threat
//     1)
//   - removal by a large weight: not done: readings are bridged
//     (TestCutDoNotDelete)
//   - as-left reading typed wrong: left outside: a mixture, listed (in judge
//     TestFarAsLeftsOfAFleet; TestStatesTheRecordLeavesOpen)
//   - wrong fuel label: unit stands among the first to ask about (in judge
//     TestFuelLabelsOfAFleet, TestFuelLabelTakesItsReadingsOutOfTheFit; in estimate
//     TestWrongLabelsAreAskedAbout)
//   - unit slope left out: cannot be: always searched; noise running to nothing is
//     said (TestEndingsAtTheBoundary, TestPlantedEndings)
//   - wandering left out: cannot be, except where it is one with the noise
//     (TestWanderingIsSearchedFor, TestWanderingNotSeparable)
//   - all gaps alike, two readings a segment: wandering held at 0, said so
//     (TestWanderingNotSeparable)
//   - readings of one day: allowed (TestReadingsOfOneDay)
//   - one reading, none: population rate, full slope variance, mark
//     (TestUnitWithOneReading, TestStatesTheRecordLeavesOpen)
//   - long gap: new segment after five years, mark (TestSegmentRule (f),
//     TestExtrapolationIsMarked)
//   - wrong dates: order and install day checked before the fit (in judge
//     TestFindings (dates))
//   - extrapolation: marked from three years, none beyond five
//     (TestExtrapolationIsMarked; in estimate TestNothingIsSaidBeyondFiveYears)
//   - display in steps: half a step beyond the band; finer gas read (in estimate
//     TestShownBeginsHalfAStepBeyond, TestCoarseDisplays, TestFinerGasIsWhatIsRead;
//     TestResolution)
//   - columns that follow from others: named and dropped (TestAliasedColumns,
//     TestPlantedEndings)
//   - no column, no analyzer: empty blocks (TestCriterionOfOtherPackages (S1, S3))
//   - covariates in wild units: scaled inside, reported on their own scale
//     (TestWildUnits)
//
// Refinements
//
//   - settling column (TestSettlingColumn, TestForecastsSettleForAYear,
//     TestAmountOfData; in estimate TestSettlingIsFound, threat 8)
//   - cut, do not delete (TestCutDoNotDelete, TestDeletionAgainstExplicitMatrices)
//   - unconfirmed last reading (TestIsolatedLastReading,
//     TestLastReadingThatStandsAlone, TestUnconfirmedWithoutACut,
//     TestUnconfirmedGoesByTheShareAdjusted; in estimate TestOpenJumpsAreSeen,
//     TestUnconfirmedReadBack)
//   - forecasts judged by what came of earlier ones, drawn to the target as those
//     ask (TestPastForecastKnowsNothingLater, TestRecalibrationIsLearned,
//     TestWhatIsLeftOfAState; in estimate TestWorldsOutsideTheModel)
//   - no adjustment flags (TestStatesTheRecordLeavesOpen, TestShareAdjusted; in
//     estimate threat 1b)
//   - burner control, classes of 100 differences, common vents apart (in estimate
//     TestEveryWordHasAClass, threat 4, TestStrata, TestCommonVentsDriftOnTheirOwn;
//     calibration by control is a group of the look back)
//   - gas steps known and suspected (in estimate TestLevelStepIsSuspectedAndKnown,
//     TestStepOfAllAreasIsNamedOnce; TestStepIsTheCoefficientItWouldHave,
//     TestNoStepIsSuspectedWithoutOne)
//   - selective recording (in estimate TestSelectiveRecordingIsFlagged,
//     TestFlaggedAsFoundsDecideNothing, TestWhoIsFlagged,
//     TestAllSelectiveWithholdsCoefficients; TestHeldCoefficients)
//   - as-found readings read low (in estimate TestAsFoundReadLow,
//     TestLowAsFoundsThatMayBeSettling)
//   - temperature missing (in estimate TestTemperatureMissing,
//     TestNoSeasonFromAutumnAlone, TestSpreadOfTheAirWidensForecasts,
//     TestAirInDoubtIsNotRecorded)
//   - amount of data (in estimate TestAmountsOfData,
//     TestPriorsOfVentsGoByTheirSpread, TestPriorsOfTheAirGoByControl,
//     TestVentEffectNeedsUnits; TestAmountOfData, TestNoSearchOnFewDifferences,
//     TestPriorsAreObservations, TestSearchOnASample)
//   - vent records (in estimate TestVentRecords, TestSuspectedVentRule)
//   - resolution (in estimate TestCoarseDisplays; TestResolution)
//   - analyzers of unequal noise, one for most readings (in estimate
//     TestAnalyzersAreRated; TestNoiseRatioFindsTheNoisyAnalyzer)
//   - no reading in the current segment (TestStatesTheRecordLeavesOpen; its
//     calibration is a figure of the look back)
//
// One hundred and six of these remedies, and of what is said of them, were taken out
// or spoilt one at a time: each makes a test fail, but for the scaling of covariates,
// which goes by powers of two and changes no digit.
//
// How it stays fast: differences are laid out once for all evaluations; a search ends
// by Newton steps with the average information, and simplices and restarts only where
// these do not arrive; biases are factored block by block on all workers, each in the
// order that fills least; and their covariance is kept by its parts, never as a square.
// Crews that a few visits link cost little more than apart. A fleet in which everybody
// meets everybody is one full block: a cube of its columns an evaluation.
