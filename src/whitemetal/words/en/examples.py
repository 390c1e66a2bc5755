"""How each command is typed, in its help and wherever one was mistyped: whole lines, with remarks as in a shell."""

MESSAGES: dict[str, str] = {
    "judge": """\
whitemetal judge bearing.toml readings.toml
whitemetal judge bearing.toml readings.csv --facts facts.toml --unit mm""",
    "wire": "whitemetal wire bearing.toml",
    "agree": "whitemetal agree bearing.toml wire.toml bore.toml lift.toml",
    "card": "whitemetal card bearing.toml",
    "methods": "whitemetal methods",
    "blank": "whitemetal blank bearing.toml --method crush -o crush.toml",
    "sheet": """\
whitemetal sheet bearing.toml -o blank.pdf
whitemetal sheet bearing.toml readings.toml -o sheet.pdf""",
    "film": """\
whitemetal film bearing.toml readings.toml
whitemetal film bearing.toml --oil "ISO VG 32" --ambient "30 degC\"""",
    "window": "whitemetal window bearing.toml readings.toml",
    "plan": """\
whitemetal plan bearing.toml readings.toml --stock '0.05 mm, 0.10 mm' --in '2 x 0.05 mm'""",
    "order": "whitemetal order bearing.toml journal.toml --grade 7 -o order.pdf",
    "procedure": """\
whitemetal procedure bearing.toml
whitemetal procedure bearing.toml --plant plant.toml -o pack.pdf""",
    "follow": """\
whitemetal follow logger.csv --job 4711 --by 'Jo Invented' --begin uncoupled --column 2=metal
whitemetal follow logger.csv --job 4711 --by 'Jo Invented' # goes on with it""",
    "report": """\
whitemetal report 4711 -o report.pdf
whitemetal report 4711 --database plant.sqlite3 -o report.pdf""",
    "export": """\
whitemetal export 4711 --as xlsx -o job.xlsx
whitemetal export --as csv -o everything.zip --database plant.sqlite3""",
    "serve": """\
whitemetal serve --database plant.sqlite3
whitemetal serve --host 0.0.0.0 --https --name bench.workshop.local
whitemetal serve --port 8471 --name plant.example --proxy 127.0.0.1""",
    "tell": """\
whitemetal tell --database plant.sqlite3 --to https://planning.example/news
whitemetal tell --to http://127.0.0.1:9000/ --secret shared.key --every 30""",
    "demo": """\
whitemetal demo --into mill.sqlite3
whitemetal demo --files mill""",
    "verify": """\
whitemetal verify plant.sqlite3 # a record, or a backup of one
whitemetal verify job.zip --keys keys.txt # an exported file alone
whitemetal verify postgresql://whitemetal@db.example/whitemetal""",
    "people": """\
whitemetal people first --database plant.sqlite3
whitemetal people add 'Jo Invented' --role fit --role check --database plant.sqlite3
whitemetal people list --database plant.sqlite3""",
    "move": """\
whitemetal move plant.sqlite3 postgresql://whitemetal@db.example/whitemetal
whitemetal move postgresql://whitemetal@db.example/whitemetal plant2.sqlite3""",
    "backup": """\
whitemetal backup plant.sqlite3 night.backup
whitemetal backup night.backup # of the record in WHITEMETAL_DATABASE""",
    "restore": """\
whitemetal restore night.backup plant2.sqlite3
whitemetal restore night.backup postgresql://whitemetal@db.example/empty""",
    "schema": "whitemetal schema readings --method crush",
}
