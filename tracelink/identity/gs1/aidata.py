"""The application identifiers of GS1 and how they go together, as data; `aitable` reads it.

A line is one identifier, or a range of them, and:

- "*" its length is predefined, so that no separator follows; "?" it may stand behind the question mark of a web address
- the components of its value: N digits, X character set 82, Y set 39, Z base 64; "..30" is 1 to 30 characters; square
  brackets, may be left out; the words behind a comma are checks
- what it needs on the same item: every group, of a group one of those between commas; "+" joins, "n" is any digit
- what it excludes on the same item
- if it can be the key of a web address, what may follow it there, in this order; "/" separates alternatives
- its data title

The facts are those of the GS1 Barcode Syntax Dictionary, release 2026-01-27 (GS1 AISBL, Apache License 2.0).
"""

ROWS = """
00        | *? | N18,csum,gcppos2         |                        |           | alone        | SSCC
01        | *? | N14,csum,gcppos2         |                        | 255,37    | 22,10,21/235 | GTIN
02        | *? | N14,csum,gcppos2         | 37                     | 01,03     |              | CONTENT
03        | *  | N14,csum,gcppos2         |                        | 01,02,37  |              | MTO GTIN
10        | ?  | X..20                    | 01,02,03,8006,8026     |           |              | BATCH/LOT
11        | *? | N6,yymmd0                | 01,02,03,8006,8026     |           |              | PROD DATE
12        | *? | N6,yymmd0                | 8020                   |           |              | DUE DATE
13        | *? | N6,yymmd0                | 01,02,03,8006,8026     |           |              | PACK DATE
15        | *? | N6,yymmd0                | 01,02,03,8006,8026     |           |              | BEST BEFORE or BEST BY
16        | *? | N6,yymmd0                | 01,02,03,8006,8026     |           |              | SELL BY
17        | *? | N6,yymmd0                | 01,02,03,255,8006,8026 |           |              | USE BY or EXPIRY
20        | *? | N2                       | 01,02,8006,8026        |           |              | VARIANT
21        |    | X..20                    | 01,03,8006             | 235       |              | SERIAL
22        |    | X..20                    | 01                     |           |              | CPV
235       |    | X..28                    | 01                     |           |              | TPX
240       | ?  | X..30                    | 01,02,8006,8026        |           |              | ADDITIONAL ID
241       | ?  | X..30                    | 01,02,8006,8026        |           |              | CUST. PART No.
242       | ?  | N..6                     | 01,02,8006,8026        |           |              | MTO VARIANT
243       | ?  | X..20                    | 01                     |           |              | PCN
250       | ?  | X..30                    | 01,8006 21             |           |              | SECONDARY SERIAL
251       | ?  | X..30                    | 01,8006                |           |              | REF. TO SOURCE
253       | ?  | N13,csum,gcppos1 [X..17] |                        |           | alone        | GDTI
254       |    | X..20                    | 414                    |           |              | GLN EXTENSION COMPONENT
255       | ?  | N13,csum,gcppos1 [N..12] |                        | 01,02,415,8006,8020,8026 | alone        | GCN
30        | ?  | N..8                     | 01,02                  |           |              | VAR. COUNT
37        | ?  | N..8                     | 00 02,8026             |           |              | COUNT
3900-3909 | ?  | N..15                    | 255,8020               | 390n,391n,394n,8111 |              | AMOUNT
3910-3919 | ?  | N3,iso4217 N..15         | 8020                   | 391n      |              | AMOUNT
3920-3929 | ?  | N..15                    | 01 30,31nn,32nn,35nn,36nn | 392n,393n |              | PRICE
3930-3939 | ?  | N3,iso4217 N..15         | 30,31nn,32nn,35nn,36nn | 393n      |              | PRICE
3940-3943 | ?  | N4                       | 255                    | 394n,8111 |              | PRCNT OFF
3950-3955 | ?  | N6                       | 30,31nn,32nn,35nn,36nn | 392n,393n,395n,8005 |              | PRICE/UoM
400       | ?  | X..30                    |                        |           |              | ORDER NUMBER
401       | ?  | X..30,gcppos1            |                        |           | alone        | GINC
402       | ?  | N17,csum,gcppos1         |                        |           | alone        | GSIN
403       | ?  | X..30                    | 00                     |           |              | ROUTE
410       | *? | N13,csum,gcppos1         |                        |           |              | SHIP TO LOC
411       | *? | N13,csum,gcppos1         |                        |           |              | BILL TO
412       | *? | N13,csum,gcppos1         |                        |           |              | PURCHASE FROM
413       | *? | N13,csum,gcppos1         |                        |           |              | SHIP FOR LOC
414       | *? | N13,csum,gcppos1         |                        |           | 254/7040     | LOC No.
415       | *? | N13,csum,gcppos1         | 8020                   |           | 8020         | PAY TO
416       | *? | N13,csum,gcppos1         |                        |           |              | PROD/SERV LOC
417       | *? | N13,csum,gcppos1         |                        |           | 7040         | PARTY
420       | ?  | X..20                    |                        | 421       |              | SHIP TO POST
421       | ?  | N3,iso3166 X..9          |                        | 4307      |              | SHIP TO POST
422       | ?  | N3,iso3166               | 01,02,8006,8026        | 426       |              | ORIGIN
423       | ?  | N3,iso3166 [N3],iso3166 [N3],iso3166 [N3],iso3166 [N3],iso3166 | 01,02                  | 426       |              | COUNTRY - INITIAL PROCESS
424       | ?  | N3,iso3166               | 01,02                  | 426       |              | COUNTRY - PROCESS
425       | ?  | N3,iso3166 [N3],iso3166 [N3],iso3166 [N3],iso3166 [N3],iso3166 | 01,02                  | 426       |              | COUNTRY - DISASSEMBLY
426       | ?  | N3,iso3166               | 01,02                  |           |              | COUNTRY - FULL PROCESS
427       | ?  | X..3                     | 01,02 422              |           |              | ORIGIN SUBDIVISION
4300      | ?  | X..35,pcenc              | 00                     |           |              | SHIP TO COMP
4301      | ?  | X..35,pcenc              | 00                     |           |              | SHIP TO NAME
4302      | ?  | X..70,pcenc              | 00                     |           |              | SHIP TO ADD1
4303      | ?  | X..70,pcenc              | 4302                   |           |              | SHIP TO ADD2
4304      | ?  | X..70,pcenc              | 00                     |           |              | SHIP TO SUB
4305      | ?  | X..70,pcenc              | 00                     |           |              | SHIP TO LOC
4306      | ?  | X..70,pcenc              | 00                     |           |              | SHIP TO REG
4307      | ?  | X2,iso3166alpha2         | 00                     |           |              | SHIP TO COUNTRY
4308      | ?  | X..30                    | 00                     |           |              | SHIP TO PHONE
4309      | ?  | N10,latitude N10,longitude | 00                     |           |              | SHIP TO GEO
4310      | ?  | X..35,pcenc              | 00                     |           |              | RTN TO COMP
4311      | ?  | X..35,pcenc              | 00                     |           |              | RTN TO NAME
4312      | ?  | X..70,pcenc              | 00                     |           |              | RTN TO ADD1
4313      | ?  | X..70,pcenc              | 4312                   |           |              | RTN TO ADD2
4314      | ?  | X..70,pcenc              | 00                     |           |              | RTN TO SUB
4315      | ?  | X..70,pcenc              | 00                     |           |              | RTN TO LOC
4316      | ?  | X..70,pcenc              | 00                     |           |              | RTN TO REG
4317      | ?  | X2,iso3166alpha2         | 00                     |           |              | RTN TO COUNTRY
4318      | ?  | X..20                    | 00                     |           |              | RTN TO POST
4319      | ?  | X..30                    | 00                     |           |              | RTN TO PHONE
4320      | ?  | X..35,pcenc              | 00                     |           |              | SRV DESCRIPTION
4321      | ?  | N1,yesno                 | 00                     |           |              | DANGEROUS GOODS
4322      | ?  | N1,yesno                 | 00                     |           |              | AUTH TO LEAVE
4323      | ?  | N1,yesno                 | 00                     |           |              | SIG REQUIRED
4324      | ?  | N6,yymmd0 N4,hhmi        | 00                     |           |              | NOT BEF DEL DT
4325      | ?  | N6,yymmd0 N4,hhmi        | 00                     |           |              | NOT AFT DEL DT
4326      | ?  | N6,yymmdd                | 00                     |           |              | REL DATE
4330      | ?  | N6 [X1],hyphen           | 00                     | 4331      |              | MAX TEMP F.
4331      | ?  | N6 [X1],hyphen           | 00                     | 4330      |              | MAX TEMP C.
4332      | ?  | N6 [X1],hyphen           | 00                     | 4333      |              | MIN TEMP F.
4333      | ?  | N6 [X1],hyphen           | 00                     | 4332      |              | MIN TEMP C.
7001      | ?  | N13                      | 01,02,8006,8026        |           |              | NSN
7002      | ?  | X..30                    | 01,02                  |           |              | MEAT CUT
7003      | ?  | N6,yymmdd N4,hhmi        | 01,02                  |           |              | EXPIRY TIME
7004      | ?  | N..4                     | 01+10                  |           |              | ACTIVE POTENCY
7005      | ?  | X..12                    | 01,02                  |           |              | CATCH AREA
7006      | ?  | N6,yymmdd                | 01,02                  |           |              | FIRST FREEZE DATE
7007      | ?  | N6,yymmdd [N6],yymmdd    | 01,02                  |           |              | HARVEST DATE
7008      | ?  | X..3                     | 01,02                  |           |              | AQUATIC SPECIES
7009      | ?  | X..10                    | 01,02                  |           |              | FISHING GEAR TYPE
7010      | ?  | X..2                     | 01,02                  |           |              | PROD METHOD
7011      | ?  | N6,yymmdd [N4],hhmi      | 01,02                  |           |              | TEST BY DATE
7020      | ?  | X..20                    | 01,8006 416            |           |              | REFURB LOT
7021      | ?  | X..20                    | 01,8006                |           |              | FUNC STAT
7022      | ?  | X..20                    | 7021                   |           |              | REV STAT
7023      | ?  | X..30,gcppos1            |                        |           |              | GIAI - ASSEMBLY
7030      | ?  | N3,iso3166999 X..27      | 01,02                  |           |              | PROCESSOR # 0
7031      | ?  | N3,iso3166999 X..27      | 01,02                  |           |              | PROCESSOR # 1
7032      | ?  | N3,iso3166999 X..27      | 01,02                  |           |              | PROCESSOR # 2
7033      | ?  | N3,iso3166999 X..27      | 01,02                  |           |              | PROCESSOR # 3
7034      | ?  | N3,iso3166999 X..27      | 01,02                  |           |              | PROCESSOR # 4
7035      | ?  | N3,iso3166999 X..27      | 01,02                  |           |              | PROCESSOR # 5
7036      | ?  | N3,iso3166999 X..27      | 01,02                  |           |              | PROCESSOR # 6
7037      | ?  | N3,iso3166999 X..27      | 01,02                  |           |              | PROCESSOR # 7
7038      | ?  | N3,iso3166999 X..27      | 01,02                  |           |              | PROCESSOR # 8
7039      | ?  | N3,iso3166999 X..27      | 01,02                  |           |              | PROCESSOR # 9
7040      |    | N1 X1 X1 X1,importeridx  |                        |           |              | UIC+EXT
7041      |    | X..4,packagetype         | 00                     |           |              | UFRGT UNIT TYPE
710       | ?  | X..20                    | 01                     |           |              | NHRN PZN
711       | ?  | X..20                    | 01                     |           |              | NHRN CIP
712       | ?  | X..20                    | 01                     |           |              | NHRN CN
713       | ?  | X..20                    | 01                     |           |              | NHRN DRN
714       | ?  | X..20                    | 01                     |           |              | NHRN AIM
715       | ?  | X..20                    | 01                     |           |              | NHRN NDC
716       | ?  | X..20                    | 01                     |           |              | NHRN AIC
717       | ?  | X..20                    | 01                     |           |              | NHRN SRN
7230      | ?  | X2 X..28                 | 01,8004                |           |              | CERT # 1
7231      | ?  | X2 X..28                 | 01,8004                |           |              | CERT # 2
7232      | ?  | X2 X..28                 | 01,8004                |           |              | CERT # 3
7233      | ?  | X2 X..28                 | 01,8004                |           |              | CERT # 4
7234      | ?  | X2 X..28                 | 01,8004                |           |              | CERT # 5
7235      | ?  | X2 X..28                 | 01,8004                |           |              | CERT # 6
7236      | ?  | X2 X..28                 | 01,8004                |           |              | CERT # 7
7237      | ?  | X2 X..28                 | 01,8004                |           |              | CERT # 8
7238      | ?  | X2 X..28                 | 01,8004                |           |              | CERT # 9
7239      | ?  | X2 X..28                 | 01,8004                |           |              | CERT # 10
7240      | ?  | X..20                    | 01,8006                |           |              | PROTOCOL
7241      | ?  | N2,mediatype             | 8017,8018              |           |              | AIDC MEDIA TYPE
7242      | ?  | X..25                    | 8017,8018              |           |              | VCN
7250      | ?  | N8,yyyymmdd              | 8018                   | 7251      |              | DOB
7251      | ?  | N8,yyyymmdd N4,hhmi      | 8018                   | 7250      |              | DOB TIME
7252      | ?  | N1,iso5218               | 8018                   |           |              | BIO SEX
7253      | ?  | X..40,pcenc              | 8017,8018              | 7256,7259 |              | FAMILY NAME
7254      | ?  | X..40,pcenc              | 8017,8018              | 7256,7259 |              | GIVEN NAME
7255      | ?  | X..10                    | 8017,8018              | 7256,7259 |              | SUFFIX
7256      | ?  | X..90,pcenc              | 8017,8018              |           |              | FULL NAME
7257      | ?  | X..70,pcenc              | 8018                   |           |              | PERSON ADDR
7258      | ?  | X3,posinseqslash         | 8018+7259              |           |              | BIRTH SEQUENCE
7259      | ?  | X..40,pcenc              | 8018                   | 7256      |              | BABY
8001      | ?  | N4,nonzero N5,nonzero N3,nonzero N1,winding N1 | 01                     |           |              | DIMENSIONS
8002      | ?  | X..20                    |                        |           |              | CMT No.
8003      | ?  | N1,zero N13,csum,gcppos1 [X..16] |                        |           | alone        | GRAI
8004      | ?  | X..30,gcppos1            |                        |           | 7040         | GIAI
8005      | ?  | N6                       | 01,02                  |           |              | PRICE PER UNIT
8006      | ?  | N14,csum,gcppos2 N4,pieceoftotal |                        | 01,37     | 22,10,21     | ITIP
8007      | ?  | X..34,iban               | 415                    |           |              | IBAN
8008      | ?  | N6,yymmdd N2,hh [N2],mi [N2],ss | 01,02                  |           |              | PROD TIME
8009      | ?  | X..50                    | 00,01                  |           |              | OPTSEN
8010      | ?  | Y..30,gcppos1            |                        |           | 8011         | CPID
8011      |    | N..12,nozeroprefix       | 8010                   |           |              | CPID SERIAL
8012      | ?  | X..20                    | 01,8006                |           |              | VERSION
8013      | ?  | X..25,csumalpha,gcppos1  |                        |           | alone        | GMN
8014      |    | X..25,csumalpha,gcppos1,hasnondigit | 01                     |           |              | MUDI
8017      | ?  | N18,csum,gcppos1         |                        | 8018      | 8019         | GSRN - PROVIDER
8018      | ?  | N18,csum,gcppos1         |                        | 8017      | 8019         | GSRN - RECIPIENT
8019      |    | N..10                    | 8017,8018              |           |              | SRIN
8020      |    | X..25                    | 415                    |           |              | REF No.
8026      | ?  | N14,csum,gcppos2 N4,pieceoftotal | 37                     | 02,8006   |              | ITIP CONTENT
8030      | ?  | Z..90                    | 00,01+21,253,255,8003,8004,8006+21,8010+8011,8017,8018 |           |              | DIGSIG
8040      |    | N15                      | 01+21                  |           |              | IMEI
8041      |    | N15                      | 01+21+8040             |           |              | IMEI2
8042      |    | N32                      | 01+21+8040             |           |              | ESIM
8043      |    | N18 [N..2]               | 01+21+8040             |           |              | PSIM
8110      | ?  | X..70,couponcode         |                        |           |              |
8111      | ?  | N4                       | 255                    |           |              | POINTS
8112      | ?  | X..70,couponposoffer     |                        |           |              |
8200      |    | X..70                    | 01                     |           |              | PRODUCT URL
90        | ?  | X..30                    |                        |           |              | INTERNAL
91-99     | ?  | X..90                    |                        |           |              | INTERNAL
"""

MEASURES = {
    "01,02": """
310 NET WEIGHT (kg)
311 LENGTH (m)
312 WIDTH (m)
313 HEIGHT (m)
314 AREA (m²)
315 NET VOLUME (l)
316 NET VOLUME (m³)
320 NET WEIGHT (lb)
321 LENGTH (in)
322 LENGTH (ft)
323 LENGTH (yd)
324 WIDTH (in)
325 WIDTH (ft)
326 WIDTH (yd)
327 HEIGHT (in)
328 HEIGHT (ft)
329 HEIGHT (yd)
350 AREA (in²)
351 AREA (ft²)
352 AREA (yd²)
356 NET WEIGHT (tr oz)
357 NET VOLUME (oz)
360 NET VOLUME (qt (US))
361 NET VOLUME (gal.)
364 NET VOLUME (in³)
365 NET VOLUME (ft³)
366 NET VOLUME (yd³)
""",
    "00,01": """
330 GROSS WEIGHT (kg)
331 LENGTH (m), log
332 WIDTH (m), log
333 HEIGHT (m), log
334 AREA (m²), log
335 VOLUME (l), log
336 VOLUME (m³), log
340 GROSS WEIGHT (lb)
341 LENGTH (in), log
342 LENGTH (ft), log
343 LENGTH (yd), log
344 WIDTH (in), log
345 WIDTH (ft), log
346 WIDTH (yd), log
347 HEIGHT (in), log
348 HEIGHT (ft), log
349 HEIGHT (yd), log
353 AREA (in²), log
354 AREA (ft²), log
355 AREA (yd²), log
362 VOLUME (qt (US)), log
363 VOLUME (gal (US)), log
367 VOLUME (in³), log
368 VOLUME (ft³), log
369 VOLUME (yd³), log
""",
    "01": """
337 KG PER m²
""",
}
"""Measures by what they need on the same item: three digits of the identifier and the data title.

A fourth digit, 0 to 5, says how many decimal places the value has. All values are six digits of predefined length; all
may stand behind a question mark; each excludes itself with another number of decimal places.
"""
