-- layer: result
-- makes: result.coefficients
-- grain: a row a fire and covariate
-- reads: nothing
-- why: the effects of the model with their intervals, why one has none, and which an engineer may use
create table result.coefficients (
    fire    varchar not null,
    name    varchar not null,
    unit    varchar,
    coding  varchar,
    source  varchar,
    scale   double,
    value   double,
    se      double,
    low     double,
    high    double,
    dropped varchar,
    usable  boolean not null,
    why_not varchar
);
