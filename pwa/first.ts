/** What every first screen reads, which comes as one file; what is not here comes with the screen that asks for it. */
export const FIRST = new RegExp(
  [
    'node_modules/(preact|@preact|dexie)',
    'src/app\\.',
    'src/ui/',
    'src/forms/(?!Contest\\.)',
    'src/generated/(?!demo|places)',
    'src/pictures/(?!Marks)',
    'src/store/(?!early|journal|copy|status)',
    'src/sync/(api|cycle|leaving|loop|photos|session)\\.',
    'src/engine/(live|client|messages)\\.',
    'src/domain/(assessment|book|box|changes|check|contested|demo|endings|fast_start|gaps|ids|model|moved|parse|photos|progress|shape|shared|shelf|sides|sizes|spoken|survey|taken|together|words)\\.',
    'src/screens/(Home|Install|Lent|Locked|Record|SignIn|Stage|asked|door|SurveyList|current|registry|results/(come|Drawing|Findings|FindingsHere|Foot)\\.|building/(Room|ShapePanel|Emitters|beyond)\\.|photos/(PhotoStrip|TakePhoto|address|marks))',
  ].join('|'),
);
