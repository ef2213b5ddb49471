"""Makes password_words.tsv and password_words_es.tsv: the words that temporary passwords are drawn from.

    python tests/tables/password_words.py

passlib has the English lists among its own files; its public door to them, `passlib.pwd`, no longer
opens, as it needs the part of setuptools that was taken out. Nobody wants some of their words in a
welcome letter, so each is named here with what it is about. What is left is gone through by eye.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path

TABLES = Path(__file__).parents[2] / "onboard" / "tables"

# English words that are not drawn, by what they are about; some are about more than one thing.
LEFT_OUT = {
    "the sign between the words, or what is said of a page and its keys": """
        yo-yo dash dot comma slash email enter erase undo user word name click blog press""",
    "written in two ways, or heard as another word": """
        acre boney bony chili cozy creme donut fiber mold plow putt vapor whole wifi woven yummy bok
        kung mardi petri aide axis cache canon cash chute crepe flyer genre gray knee knelt moan muse
        petal prize rhyme savor armor rigor size skies syrup taper tutu vice wrath wreck wrist yoyo""",
    "names of firms and of people": "coke ebay jeep nacho trump visa xerox yahoo dodge colt carol",
    "insults, and what people are scolded for": """
        slob nerd geek wimp prude bully poser punk dude hunk yelp ditzy goofy junky chump silly
        tacky drab blimp hefty lazy moody petty sneer taunt scorn scoff scold snub blob bleak dense
        dimly dingy dizzy crazy fool flaky nag nutty old aged aging pest perky quack mule mousy bats
        runny rank rant rigid shush shun smirk snarl sneak scowl sulk stuck swear sadly stray stump
        wilt worry flop false error spoil stark mumbo mute used wad blot blank boast botch slack slug
        cling crank grub pout shaky alone stoop lurch drama boss buggy scrap smog""",
    "crime, courts, debt, gambling": """
        arson theft frisk mace poach crook sham scam slimy bribe raid stash stole trick shady lurk
        spied alibi evict debt debit lying snare spoof rogue riot rebel juror judge jury trial case
        wager poker dice spree swipe grab mug prank pry plead evade decoy cage fled trap plot quota alias""",
    "war, harm, fear, politics": """
        bust hurt harm gore rage drown evil slit curse hate spew bash blast blaze armed army navy
        tank cadet squad lance truce foe punch slash slam smash shove lash stung sting clash fend
        fang jab blunt alarm agony panic anger scare scary chaos shock ruin risk quake repel crept
        cried grief grunt frown lair alien acid darn eject cut ditch droop kick drone rival thump
        thud jolt stomp erupt flame baton veto voter void broke claw blade rope sling""",
    "the body, sickness, drugs": """
        womb fetal virus filth deaf dwarf aids polio rash sweat rabid coma ankle body cheek chest
        elbow femur gut jaws limb lip liver lung mouth thigh thumb faced gag snout snort stool
        cramp cough fever wound stain ooze moist musky sniff smell stank whiff bloat gas ouch woozy
        viral cure donor probe frail swab decay trash hash dose snuff bud bulge throb cold dab down
        folic heave poppy shack snore tummy tweak yeast perm pulse swell chew crush""",
    "death": "slain grave widow ashes ashen mummy omen taps hunt",
    "sex and love": """
        thong grope panty groom hung buck squat stud vixen flirt hump boned curvy breed mate rut romp
        shaft prong crave lure elope dowry tart ream fling bush wife sax cupid bunt mount blush
        charm wink bunny doll boxer""",
    "alcohol": "keg cider malt drank flask stout party",
    "religion, origin, and what some people do not eat": """
        tarot pagan islam cult sect slum angel halo saint bless chant guru santa relic lent cross
        roman tribe race chief chow vegan pork bacon yoga""",
}  # fmt: skip

# Plain words of five letters at most that we draw too, in place of those. All are in the English
# list of BIP-39.
ADDED = """
    about above act actor adapt add agree alley allow alpha also any arch ask away bag base basic
    begin below bench best bike bird boost box brand brave build cabin camp canoe cart cat
    catch chalk child climb close coin cook cool core corn cream creek cube cup door dream dune eager
    earn easy edit enjoy extra farm few field fine first fix floor focus fold fork forum frog fun
    funny gate giant give goat goose group grow hat hello hen hill hint hobby hold home honey hope
    horn hotel hover huge idea inch inner jar jeans jewel join joke keen kind kit lamp later leaf
    learn light load local logic long loop loud loyal lucky magic make maple melt menu mesh mimic mix
    model month moon never nice noise north novel often okay orbit other panel pause pave pen pet
    piano pilot pink pizza place plate play pole pool proud quick quiz rapid ready ridge robot roof
    room rose round rural sand sauce seat seed shoe side since six skill slide smart snow soap
    sock soda soft solar solid song soon soup south spare spice spin stay stone style such sunny
    super swap swift table talk tape taxi teach team ten tent term three throw title toast today
     tone tool top topic torch toss total tower town toy trim true trust truth tube tuna turn
    twin until usual valid van vast verb very visit vivid warm west whale when wide wild wrap young
    youth zoo
"""

# Spanish words of BIP-39 that are not drawn: the same matters, what is rude in a country of the
# Americas, and what few there know.
LEFT_OUT_ES = {
    "the sign between the words, or what is said of a page and its keys": """
        borrar clave entrar guion letra punto tecla tilde tocar usuario""",
    "insults, and what people are scolded for": """
        agotar agrio ajeno altivo amargo arruga asno asombro avaro baba bache basura bestia
        bicho boa bobo brecha brusco bruto buey buitre bulto burla burro cabeza cabra caer calvo
        caos celoso cerdo chivo ciego cochino cojo culebra culpa demora denso dilema enano
        enfado enredo fallo falso farsa fatiga feo flaco foca fracaso furia ganso gordo gorila
        grasa grito grueso gusano hocico huida huir hundir incapaz ira joroba lacio lacra lento
        lidiar llanto llorar loco locura maduro maldad malo mamut manco mando manso masivo
        melena menor miedo miseria moho mugre mula necio nulo obeso odiar odio ofensa olvido
        orgullo pavo payaso pelea pena peor perder pereza piojo pleito pobre pulga queja rencor
        rendir romper ronco rudo rugir ruido ruina ruptura sapo simio sordo sufrir sujeto susto
        temor terco terror tieso tonto tosco triste tuerto vaca vagar vago vejez viejo vulgar
        yegua zorro zurdo""",
    "crime, courts, debt, gambling, advertising": """
        abogado abuso acceso acoso acusar adicto aduana alarma apodo apuesta asalto asilo aviso
        azar banda bingo capaz capucha careta celda clan crimen deber delito deuda dinero esposa
        evadir exigir exilio fianza fiar fingir fortuna fraude fuga ganar ganga gastar gratis
        guardia hurto ilegal impar jaula juez juicio jurar juzgar libertad lujo mafia multa
        naipe oferta pago pirata premio preso privar probar rapaz rapto refugio reja rescate
        rico rifa riqueza ruleta secta sorteo testigo timo truco urgente veneno vengar visor""",
    "war, harm, politics": """
        agitar alcalde arder ataque azote azufre batalla bomba bozal cadena campo chacal choque
        cohete combate conde corona cripta dardo defensa derrota duelo duque enemigo escudo
        espada feroz fiera flecha forzar fuego fuerza fusil golfo golpe guerra hacha herir
        hoguera hostil huelga humo imperio imponer jefe lanza lucha matar militar mina misil
        monarca muro patria peligro pueblo quemar radical reforma reino rey riesgo sable soldado
        tanque tormenta torpedo tregua tropa trueno vencer votar voto""",
    "the body, sickness, drugs": """
        abdomen ahogo amapola anemia apetito barba boca bola brazo camello cara carne caspa
        cigarro codo cuello curar cutis dedo delgado dental diente dieta diluir dolor dorso
        dosis droga enfermo fiebre fluir flujo fobia fosa fumar gemelo gemir gen germen gota
        goteo grano grave gripe hongo hueco hueso inmune jarabe jeringa labio lengua llaga
        lombriz lomo lonja mano mejilla mente miope muela muslo nariz nasal nervio nuca nudillo
        ojo olfato ombligo oral oreja palma palpar parir pata pecho pelar pellejo pelo perico
        pierna pipa polvo pomada pupa pupila receta remedio rodilla rostro rubor salud sanear
        sangre sanidad sano sed sudor tabaco tatuaje terapia tez tobillo torso tos toser trance
        trauma tripa tumor vacuna vena venda viral yodo""",
    "death": """
        aborto alma altar anciano ceniza cruz eterno fin grieta letal luto momia morir mortal
        muerte ocaso sombra tumba urna vampiro viudo yacer""",
    "sex, love, and what is rude in a country of the Americas": """
        almeja amante amor besar beso bobina boda bolsa bufanda cama chancla chapa chico chuleta
        chupar coger cola conejo conga corcho crudo cueva dama deseo desnudo diva dulce dureza
        duro echar goma gozar grada guapo hada hembra hijo hombre hoyo huevo infiel joven lamer
        macho madre marido meter miembro mojar morro mover mozo mujer novio ostra padre paloma
        parar pepino picar pijama pisar poder poner potencia potro precoz pudor rabia rabo
        sensor sexo sexto suegra tajo tarro tocino tomar torero trago untar vaina venir venus
        vivo""",
    "alcohol": """
        bebida bodega butaca copa ebrio juerga licor ron sidra vino""",
    "religion, origin": """
        alba aries ateo ayuno blanco bruja cielo culto diablo divino domingo etnia gloria himno
        honor honra iglesia laico magia mago milagro misa mito monja moreno nativo navidad negro
        obispo ogro pecado raza rezar rito sagrado santo sirena tarot tauro templo toro tribu
        virgo virtud yoga""",
    "like advertising, an office, or hardship": """
        adulto apagar apuro astuto ausente aval captar ceder clamor crisis cuota detener eludir
        evitar examen exceso excusa extremo fachada falda faltar fama farmacia goloso humilde
        insecto larva lucir morder mosca negar novato nuera obrero obvio oculto opuesto plomo
        pompa proceso quitar recaer rechazo regla reptil rigor sacar separar severo soledad
        suceso supremo tipo toque vicio voraz yerno zumo""",
    "of Spain, of ships, of books": """
        acelga acoger alga asa avance ave babor baile bono cal calcio cazo cetro cuneta elipse
        elixir embudo faena gaita gajo gala gamba garza haz hebra helio inerte innato junco
        lince lingote litera litio lote mecha moler neto nicho noria oca ocio ocre ocupar
        ocurrir odisea ofrecer onza opaco opinar oponer optar orador osezno palco parcela pausa
        pauta proa proeza prole puchero pulir raspa regir res resina rienda rizo roce rociar
        roer rotar rumor saque sepia seta siglo socio sodio solapa sondeo sonoro sur surco sutil
        tabique talar talco tapete tapia tenaz tesis toga toldo tramo trepar trompa trote trufa
        ubicar umbral urbe vara variar verja verso verter vibrar vil villa yate yema yeso zanja
        zarza""",
    "seen by eye": "fervor forro pegar vigor pompa",
}  # fmt: skip

# Words of our own: what one eats, wears, and has at home, and animals and plants.
ADDED_ES = """
    abanico abrigo acuarela aguacate albahaca alfombra almendra almohada armario atole balsa
    bandeja banqueta batidora betabel bolillo cacerola cachorro cafetera calabaza caldero
    campana canario canasta cangrejo caracol caramelo carrusel cascabel cascada castillo cazuela
    cebra cepillo cereal chayote chimenea chispa cilantro clavel cobija coliflor columpio comal
    comedor cometa confeti corral cortina cosecha cotorra cuaderno cubeta cumbia docena durazno
    eclipse elote empanada encino ensalada entrada escalera escoba espiga espinaca esponja
    establo estanque estante estrella etiqueta farolito festival flamenco flan florero frazada
    fresco frijol frutilla galaxia galleta garbanzo gelatina girasol gladiola glorieta granero
    granizo guayaba helecho hielera higo huarache iguana jilguero jirafa jitomate ladrillo
    lavabo lavanda lechuga lenteja limonada limonero lirio llanura llavero lucero maguey maizal
    mamey manguera mantel manzana mapache maraca mariachi marimba martillo mascota mesero metate
    mezquite milpa mosaico mostaza nogal obelisco olivar ovillo paisaje palmera palomita pampa
    panadero pantalla papalote paraguas parrilla pasillo pastel pastizal patineta pelota peluche
    perejil petunia pincel pistache pizarra planeta platillo plumero portada potrero pozole
    pradera pulsera quetzal quiosco raqueta rebanada rebozo refresco regadera regata remolino
    repollo rosal sandalia sarape sendero serenata silueta sombrero sonaja tablero tamal tapiz
    tenedor terraza tinaja toallero tomate tomillo tornillo toronja tostada tostador trapecio
    trenza triciclo trigal trineo trompeta trompo trucha turquesa vainilla velita venado ventana
    verdura vestido viento vihuela violeta vitral volante
"""


def english() -> list[str]:
    """The English words that are drawn, by the alphabet."""
    listed = (files("passlib") / "_data" / "wordsets" / "eff_short.txt").read_text("ascii")
    return sorted({*listed.split(), *ADDED.split()} - _named(LEFT_OUT))


def spanish() -> list[str]:
    """The Spanish words that are drawn, by the alphabet: three to eight letters, typed without accent
    or ñ, no two of them a single slip apart."""
    left_out = _named(LEFT_OUT_ES)
    kept: list[str] = []
    for word in (*_plain(bip39("spanish")), *ADDED_ES.split()):
        if word not in left_out and not any(_is_a_slip_apart(word, other) for other in kept):
            kept.append(word)
    return sorted(kept)


def bip39(language: str) -> list[str]:
    """The list of a language, in Unicode's composed form (NFC)."""
    text = (files("mnemonic") / "wordlist" / f"{language}.txt").read_text("utf-8")
    return [unicodedata.normalize("NFC", word) for word in text.split()]


def _plain(words: Iterable[str]) -> Iterator[str]:
    return (word for word in words if re.fullmatch("[a-z]{3,8}", word))


def _named(left_out: dict[str, str]) -> set[str]:
    return set(" ".join(left_out.values()).split())


def _is_a_slip_apart(one: str, other: str) -> bool:
    """Whether a single letter more, less or otherwise makes one word of the other, or none does."""
    short, long = sorted((one, other), key=len)
    if len(long) - len(short) > 1:
        return False
    same = next(
        (i for i, (a, b) in enumerate(zip(short, long, strict=False)) if a != b), len(short)
    )
    return short[same + (len(short) == len(long)) :] == long[same + 1 :]


EFF = (
    '"EFF\'s Short Wordlist 1" (Electronic Frontier Foundation, Joseph Bonneau, 2016; Creative Commons '
    f"Attribution 3.0 US, https://creativecommons.org/licenses/by/3.0/us/), as shipped in passlib {version('passlib')}"
)


def main() -> None:
    bip = f"the {{}} list of BIP-39, as shipped in mnemonic {version('mnemonic')} (MIT)"
    for name, words, source in (
        ("password_words", english(), f"{EFF}, less those that nobody wants in a letter; and words of {bip.format('English')}"),
        ("password_words_es", spanish(), f"{bip.format('Spanish')}, less those that nobody wants in a letter; and words of our own"),
    ):  # fmt: skip
        head = f"# Plain words for passphrases, {len(words):,}.\n# Source: {source}.\n# Made by tests/tables/password_words.py.\n#word\n"
        (TABLES / f"{name}.tsv").write_text(head + "\n".join(words) + "\n", "utf-8")


if __name__ == "__main__":
    main()
