// Package night is one run from the exports to a publication: its steps, the guards
// that keep a good list from being replaced by a bad one, its record (run.json), its
// metrics and its log.
//
// The steps in order: look for input; make files private, take the locks, open the
// output; clear what a broken night left; read the publications before; open a new
// warehouse; read the exports into it; guard what was read; judge, forecast and
// order the units; guard the lists; write them to a stage and put stage and
// warehouse in place. Whatever stops it before, the last publication and the
// warehouse in use stay as they were.
//
// A guard finds faults; a fault refuses the night (settings.Refused) unless
// guards.tolerate names its guard, and then, as all there is to look at, ends it
// with settings.Look after publishing. How a night ended is the condition of its
// error: this package knows no flag, and no exit code but as a number to write into
// record and metrics.
//
// # Guards
//
// Each guard refuses the night (code 12) unless guards.tolerate names it, where the night
// ends with 10; soft ones always end with 10. Name: key and default; what it compares.
//
//   - gone, refused: max_refused_share 0.20; files of the last publication: name and
//     bytes
//   - set aside: max_set_aside 0.10 (12), set_aside_tolerated 0.02 (10); record lines
//     set aside or without a reading of theirs; for 10 doubtful ones, those of sheets
//     that no layout reads and those without a cell as well
//   - parts not read, always 10: sheets with three lines of two cells or more that no
//     layout reads, and columns with three numbers or more under a blank header; a
//     layout names those it means to pass over (other_sheets, blank_headers)
//   - open quotes, always 10: lines in which a quote opens and never closes; the lines
//     below are read
//   - register lines: max_register_set_aside 0.05 (12, from 3 lines on),
//     register_set_aside_tolerated 0 (10); lines set aside or doubtful of each export
//     of units, plants, targets or calibrations; for 10 those without a cell as well
//   - newest file: max_file_set_aside 0.5 (12 for the newest of its source and kind
//     of record, else 10; from 5 lines on); lines set aside or without a reading of theirs,
//     or cells of one column set aside, of each export; files to mend are never the
//     newest
//   - shrunk: max_export_shrink 0.10 (from 3 lines on), shrink_days 30; usable lines
//     (accepted, superseded, duplicate) of the same name, and of the newest export of
//     each layout of units, plants, targets and calibrations, with the last
//     publication and the most of the publications of those days; shrank_ok in
//     run.json marks where a tolerated night starts the comparison anew
//   - checks: rows of queries/check
//   - readings: max_readings_lost 0.02; standing readings, less those of missing
//     files
//   - list size: max_list_change 0.5 (from 10 units on); units listed, units due
//   - fit: fit_must_hold false (10), true (12); ratios estimated in the last
//     publication and not now
//   - clock: an export of a later day than the clock's (12); the day moved back or
//     over 31 days ahead (10), and then nothing is retired
//   - entries not read, always 10: what no layout is for, links and pipes in the
//     exports folder; exports.ignore names what is meant to lie there
//   - silent sources: max_source_gaps 3 (10), ended_sources; 14 days at the least, from
//     three gaps on; age of a source's newest record, factory tests apart, against
//     the nearest-rank 95th percentile of the gaps between its record days in the two
//     years up to it
//   - age: max_age_days 0 (11), max_source_age_days 0 (10); newest record or
//     export; newest export of each layout
//
// # Threats
//
// Trusted: the account that runs the program, its configuration and layouts. Not trusted:
// every byte and every name in the exports folder. Other accounts of the machine are kept
// out by file modes; the network is not used. Each threat, what stands against it, and the
// tests that fail without it:
//
//   - text of an export becomes SQL: Go never builds SQL from pieces; values come in
//     by Arrow or as bound parameters; paths with ?, #, % are refused
//     (TestHostileText/SQL, TestSessionIsShutOff, TestPaths)
//   - ... HTML or script on a page: html/template, nothing marked safe that came from
//     outside (TestHostileText/HTML)
//   - ... a formula in a spreadsheet: an apostrophe before text that starts with one of
//     =+-@, a tab or a line end, full-width forms too; workbook cells are typed text
//     (TestHostileText/formula, analysis/report)
//   - ... an escape on a terminal: control characters, direction marks and broken
//     UTF-8 are made visible in lists, stories and error messages, file names
//     included; log/slog quotes them (TestHostileText/terminal)
//   - the database is used to read, write or fetch: loading and installing extensions
//     off, community extensions off, enable_external_access = false before the first
//     row, configuration locked; Parquet exports are read in a session of their own
//     that holds no rows (TestSessionIsShutOff)
//   - an export takes the machine down: limits with their keys in the message:
//     entries (max_files), bytes (max_file_mb), rows (max_rows, max_parquet_rows),
//     unpacked bytes (max_unpacked_mb, workbook parts by constants), text of a
//     workbook cell (max_cell_kb, counted before it is held), a line or a row of a
//     workbook (16 MiB); memory of the engine 768 MiB, of the night guards.max_memory_mb,
//     of the service MemoryMax (TestLimits, TestTooLittleMemoryIsSaid, TestGreatBookCell, TestLimitsNameTheirKeys, TestRowLimits)
//   - an export breaks the engine: Parquet files are read in a process of their own,
//     with limits on memory and time; its end refuses that file (TestDamageThatEndsTheReader)
//   - a damaged Parquet file gives other values: checksums of pages where there are
//     some, and all that the end of the file says of rows, pages and values, are
//     compared with what is read (TestChecksums, TestFlippedBits)
//   - links, pipes, folders in the exports: listed as skipped with a reason, never
//     followed or opened (TestOddThingsInTheFolder)
//   - a result or a configured output goes onto an export, a device or a file of
//     somebody else: one function decides for every path (publish.DestinationOf):
//     refused inside exports and layouts and onto anything read or made; written to a
//     device, pipe or socket; else replaced, links followed; a warehouse or metrics
//     file is replaced only where it is one of this program (the tests of outputs,
//     TestConfiguredOutputTouchesOnlyItself, TestMetricsGoByTheSameRule,
//     TestResultFoldersGoByTheSameRule)
//   - links in the output lead elsewhere: all that is written into the lists folder
//     and the renames of the warehouse go through os.Root
//     (TestLinksOutOfTheListsAreNotFollowed)
//   - others on the machine read records: umask 077 and modes set outright:
//     0600/0700, 0640/0750 with group_readable; only the metrics file is for all, and
//     holds numbers (TestModes)
//   - technicians are judged by their codes: pseudonym_key: HMAC-SHA-256 before a
//     code is stored or hashed; raw lines are then not kept; habits are not listed by
//     technician unless asked for (TestPseudonymsEverywhere)
//   - something calls home: nothing imports net or net/http; a night runs in a
//     namespace without network; the service has PrivateNetwork (TestNoNetwork)
//   - a bad night replaces a good list: guards (exit 12), publication read back
//     against its digests before and after the links move (guards,
//     TestPublicationIsReadBack)
//   - a power cut, a kill, a full disk: every file and folder synced in order; all
//     prefixes and reorderings of the operations enumerated
//     (TestPowerCutLeavesOldOrNew, TestKilledAtAnyMoment, TestFullDisk)
//
// Left open: the exports still hold technician codes, and inspect of a file shows its
// other cells as they are. A pseudonym hides a code from readers of lists, not from
// somebody who has the key or the exports. The Parquet reader is C++ and parses
// untrusted bytes, in a process of its own; the service's sandbox stands around that
// too. The engine opens the warehouse by path, outside os.Root: its folder must belong
// to the account that runs the program. A power cut can leave fluedrift-* in the
// system's temporary folder.
package night
