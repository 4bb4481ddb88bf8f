comment on table joined.verdicts is 'a row a content of a key that several known lines state, the register of units excepted: the latest export that states one content has the word; contents of a day that states several stand for nothing, and so do all where a content has no day';
comment on column joined.verdicts.key_hash is 'digest of the key of the line: equal for lines that speak of one record';
comment on column joined.verdicts.content_hash is 'digest of all values of the line: equal for equal content';
comment on column joined.verdicts.place is 'place of the line in the order of exports';
comment on column joined.verdicts.winner_place is 'place of the line that stands';
comment on column joined.verdicts.rival_place is 'place of the line that contradicts';
comment on column joined.verdicts.verdict is 'what became of the content';
