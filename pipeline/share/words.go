package share

// plainWords are names that are words as well, besides those the program itself uses: by
// themselves they mean nobody.
const plainWords = `
abbot able angel april ash august baker ball banks bard barker barn bass bath bay beach
bear beck bee bell berry best bill birch bird bishop black blank block bloom blue boat bob
body bold bolt bond book booth boss bow bowl bowman box boy brand branch brave brick
bridge bright broad brook brooks brother brown buck bull burn bush butcher butler call
camp cane cannon carpenter carter case castle cave chance chapel chase child christian
church clay clear cliff cloud coach coal cold cole college cook cool cooper corn cotton
court cox craft crane crew cross crow crown daily dale dance dare dash dawn day deal dean
dear deep deer dick dig doll down drake draw dream drew driver drum duke dust eagle early
earl east easter edge ember english ever fair faith falcon fall farmer fast field finish
fire first fish fisher flag fleet flint flood flower fly foot ford forest fort foster
fountain fox france francis frank free french friend frost full game garden gay gentry
gift glass glover goal gold good goodman grace grand grant grass gray great green grey
ground grove guard hale hall ham hammer hand hands harbor hard harm hart harvest hawk hay
hays head heart heaven herring high hill hitch holiday hood hook hope horn horse house
hunt hunter ice iron jack jay jet jewel job jolly joy judge july june just keen key kind
king knight lake lamb lance land lane large lark law lead league lee lemon level light
lily line lion little lock long lord love low lucky lynch major man manly march mark marsh
mason mast may mayor meadow mercy mild mile mill miller mine moon moor more morning moss
mountain music nail new nice noble noon north nurse oak olive page paige palm park parker
parson pass past pat patience pay peace pearl penny perfect piper pit place plain player
pole pond pool poor pope porter post potter pound power prayer price pride prince prior
proper purple quick rain ram ranger raven ray read ready red reed reef rest rice rich
ridge right ring rise river rivers road robin rock roman root rose ross round rule rush
sage salt sand sands say sawyer school sea sell senior sharp shaw shepherd ship shoe shore
short silver singer skinner sky slater small smart smith snow son south spark spear speed
spell spring staff star steel stem stern still stock stone storm stout street strong
summer sun swan sweet swift sword table tailor tall tanner taylor temple thorn tide tiger
tool tower town trainer trapper tree true tucker turn turner union urban vale van vest
victor vine wade walk walker wall ward warden water waters way wear weaver week weeks well
wells west wheeler white whole wide wild will wills win winter wise wolf wood woods word
work world worth wren wright young youth
`
