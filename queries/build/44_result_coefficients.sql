-- layer: result
-- makes: result.coefficients
-- grain: a row a fire and covariate
-- reads: nothing
-- why: the effects of the model with their intervals, and why one has none
create table result.coefficients (
    fire    varchar not null,
    name    varchar not null,
    unit    varchar,
    value   double,
    se      double,
    low     double,
    high    double,
    dropped varchar
);
