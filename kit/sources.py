"""The one bibliography: a key for each source, its full text once. Docstrings and constants name the keys."""

SOURCES: dict[str, str] = {
    # grades that are not papers
    "assumed": "A default of ours; never a check value.",
    "common practice": "A fact of the trade with no source.",
    "derived": "Arithmetic on other numbers of this table; the note says which.",
    "handbook chemistry": (
        "Textbook and handbook values of physical chemistry, from memory unless the note says otherwise."
    ),
    # bees
    "winston1987": "Winston M. L. (1987) The Biology of the Honey Bee. Harvard University Press.",
    "avitabile1978": (
        "Avitabile A. (1978) Brood rearing in honeybee colonies from late autumn to early spring. Journal of "
        "Apicultural Research 17:69-73."
    ),
    "delaplane1997": (
        "Delaplane K. S. & Hood W. M. (1997) Effects of delayed acaricide treatment in honey bee colonies "
        "parasitized by Varroa jacobsoni and a late-season treatment threshold. J. Apic. Res. 36:125-132."
    ),
    "delaplane1999": (
        "Delaplane K. S. & Hood W. M. (1999) Economic threshold for Varroa jacobsoni in the southeastern USA. "
        "Apidologie 30:383-395."
    ),
    "moeller1961": (
        "Moeller F. E. (1961) The relationship between colony populations and honey production as affected by honey "
        "bee stock lines. USDA Production Research Report 55."
    ),
    "imdorf2008": "Imdorf A., Ruoff K. & Fluri P. (2008) Volksentwicklung bei der Honigbiene. ALP forum 68.",
    "dooremalen2012": (
        "van Dooremalen C. et al. (2012) Winter survival of individual honey bees and honey bee colonies "
        "depends on level of Varroa destructor infestation. PLoS ONE 7:e36285."
    ),
    # weather
    "bablake2000": ("Bablake weather station, Coventry: averages of 1971-2000, as quoted in an encyclopaedia."),
    # mites
    "boot1995": (
        "Boot W. J. et al. (1995) Natural selection of Varroa jacobsoni explains the different reproductive "
        "strategies ...; invasion of drone and worker cells. Apidologie 26:109-118."
    ),
    "calis1999": (
        "Calis J. N. M., Fries I. & Ryrie S. C. (1999) Population modelling of Varroa jacobsoni Oud. "
        "Apidologie 30:111-124."
    ),
    "martin1995": (
        "Martin S. J. (1995) Reproduction of Varroa jacobsoni in cells of Apis mellifera containing one or "
        "more mother mites. J. Apic. Res. 34:187-196."
    ),
    "martin1998": (
        "Martin S. J. (1998) A population model for the ectoparasitic mite Varroa jacobsoni in honey bee "
        "(Apis mellifera) colonies. Ecological Modelling 109:267-281."
    ),
    "martin2001": (
        "Martin S. J. (2001) Varroa destructor reproduction during the winter in Apis mellifera colonies in "
        "UK. Experimental and Applied Acarology 25:321-325."
    ),
    "fries1994": (
        "Fries I., Camazine S. & Sneyd J. (1994) Population dynamics of Varroa jacobsoni: a model and a "
        "review. Bee World 75:5-28."
    ),
    "korpela1992": (
        "Korpela S. et al. (1992) Population dynamics of Varroa jacobsoni in the Nordic climate. J. Apic. "
        "Res. 31:159-164."
    ),
    "frey2014": (
        "Frey E. & Rosenkranz P. (2014) Autumn invasion rates of Varroa destructor into honey bee colonies "
        "and the resulting increase in mite populations. Journal of Economic Entomology 107:508-515."
    ),
    "lobb1997": (
        "Lobb N. & Martin S. J. (1997) Mortality of Varroa jacobsoni Oudemans during or soon after the "
        "emergence of worker and drone honeybees Apis mellifera L. Apidologie 28:367-374."
    ),
    "toufailia2016": (
        "Al Toufailia H. & Ratnieks F. L. W. (2016) Varroa population growth and drone brood removal in "
        "southern England; Laboratory of Apiculture and Social Insects, University of Sussex."
    ),
    # counts
    "managing_varroa": (
        "UK government leaflet Managing Varroa (National Bee Unit); editions differ, the edition is named "
        "beside each number where known."
    ),
    "lee2010": (
        "Lee K. V. et al. (2010) Practical sampling plans for Varroa destructor in Apis mellifera colonies "
        "and apiaries. J. Econ. Entomol. 103:1039-1050."
    ),
    "macedo2002": (
        "Macedo P. A., Wu J. & Ellis M. D. (2002) Using inert dusts to detect and assess varroa infestations "
        "in honey bee colonies. J. Apic. Res. 41:3-7."
    ),
    "beebook": (
        "Dietemann V. et al. (2013) Standard methods for varroa research. COLOSS BEEBOOK, J. Apic. Res. 52(1)."
    ),
    "ostiguy2000": (
        "Ostiguy N. & Sammataro D. (2000) A simplified technique for counting Varroa jacobsoni Oud. on sticky "
        "boards. Apidologie 31:707-716."
    ),
    "wilson1927": (
        "Wilson E. B. (1927) Probable inference, the law of succession, and statistical inference. J. Am. "
        "Stat. Assoc. 22:209-212."
    ),
    "morfin2024": "Morfin N. et al. (2024) Surveillance of varroa in British Columbia and winter mortality.",
    "state_advisers": (
        "Advice sheets of the Bavarian state institute for bee research and of the Swiss bee health service."
    ),
    # treatments
    "toufailia2015": (
        "Al Toufailia H., Scandian L. & Ratnieks F. L. W. (2015) Towards integrated control of varroa: 2) "
        "comparing application methods and doses of oxalic acid on the mortality of phoretic Varroa "
        "destructor mites and their honey bee hosts. J. Apic. Res. 54:108-120."
    ),
    "coffey2016": (
        "Coffey M. F. & Breen J. (2016) The efficacy and tolerability of oxalic acid products as a "
        "varroacide. J. Apic. Res."
    ),
    "pmc8825467": (
        "Trial of seven oxalic acid vaporisations 5 d apart in 99 colonies with brood, Georgia and Alabama 2019-2020: "
        "mites were not brought below the thresholds. PMC8825467, abstract."
    ),
    "gregorc2001": (
        "Gregorc A. & Planinc I. (2001) Acaricidal effect of oxalic acid in honeybee (Apis mellifera) "
        "colonies. Apidologie 32:333-340."
    ),
    "thompson2002": (
        "Thompson H. M. et al. (2002) First report of Varroa destructor resistance to pyrethroids in the UK. "
        "Apidologie 33:357-366."
    ),
    "buchler2020": (
        "Buchler R. et al. (2020) Summer brood interruption as integrated management strategy for effective "
        "Varroa control in Europe. J. Apic. Res. 59:764-773."
    ),
    "amitraz2013": "Journal of Apicultural Science 57 (2013) 107: efficacy of amitraz strips.",
    "ema2010": (
        "EMA/CVMP/EWP/459883/2008: guideline on veterinary medicinal products controlling Varroa destructor "
        "parasitosis in bees."
    ),
    "abbott1925": (
        "Abbott W. S. (1925) A method of computing the effectiveness of an insecticide. J. Econ. Entomol. 18:265-267."
    ),
    "henderson1955": (
        "Henderson C. F. & Tilton E. W. (1955) Tests with acaricides against the brown wheat mite. J. Econ. "
        "Entomol. 48:157-161."
    ),
    # winter loss
    "coloss_2018": (
        "COLOSS loss surveys 2016/17, 2017/18 and 2018/19: multi-country winter losses, J. Apic. Res. and Bee World."
    ),
    "coloss_methods": (
        "van der Zee R. et al. (2013) Standard survey methods for estimating colony losses and explanatory "
        "risk factors in Apis mellifera. COLOSS BEEBOOK, J. Apic. Res. 52(4)."
    ),
    # pooling and sharing
    "dersimonian1986": (
        "DerSimonian R. & Laird N. (1986) Meta-analysis in clinical trials. Controlled Clinical Trials 7:177-188."
    ),
    "paule1982": (
        "Paule R. C. & Mandel J. (1982) Consensus values and weighting factors. J. Res. Nat. Bureau of Standards "
        "87:377-385."
    ),
    "hartung2001": (
        "Hartung J. & Knapp G. (2001) A refined method for the meta-analysis of controlled clinical trials with binary "
        "outcome. Statistics in Medicine 20:3875-3889."
    ),
    "higgins2009": (
        "Higgins J. P. T., Thompson S. G. & Spiegelhalter D. J. (2009) A re-evaluation of random-effects "
        "meta-analysis. J. R. Statist. Soc. A 172:137-159."
    ),
    "viechtbauer2010": (
        "Viechtbauer W. (2010) Conducting meta-analyses in R with the metafor package. J. Statistical Software 36(3)."
    ),
    "colditz1994": (
        "Colditz G. A. et al. (1994) Efficacy of BCG vaccine in the prevention of tuberculosis: meta-analysis of the "
        "published literature. JAMA 271:698-702."
    ),
    "sdc_handbook": (
        "Hundepool A. et al. (2010) Handbook on Statistical Disclosure Control, version 1.2. ESSnet SDC, Eurostat "
        "(rules from memory)."
    ),
    "fcsm22": (
        "Federal Committee on Statistical Methodology (2005) Report on Statistical Disclosure Limitation Methodology. "
        "Statistical Policy Working Paper 22, second version (from memory)."
    ),
    # heat and power
    "apelblat1986": (
        "Apelblat A. (1986) Enthalpy of solution of oxalic, succinic, adipic, maleic, malic, tartaric and "
        "citric acids, oxalic acid dihydrate, citric acid monohydrate ... J. Chem. Thermodynamics 18:351-357."
    ),
    "webbook": "NIST Chemistry WebBook, oxalic acid (CAS 144-62-7), enthalpies of sublimation.",
    "doe1084": "DOE-HDBK-1084-95: Primer on lead-acid storage batteries. US Department of Energy.",
    "ieee485": (
        "IEEE Std 485: Recommended practice for sizing lead-acid batteries for stationary applications "
        "(temperature factors)."
    ),
    "army_battery": "US Army technical manual on lead-acid storage batteries: capacity against temperature.",
    "iec60228": "IEC 60228: Conductors of insulated cables (resistance at 20 °C, class 5).",
    "peukert1897": (
        "Peukert W. (1897) Über die Abhängigkeit der Kapazität von der Entladestromstärke bei "
        "Bleiakkumulatoren. Elektrotechnische Zeitschrift 20."
    ),
    # safety, law, form
    "niosh": "NIOSH Pocket Guide to Chemical Hazards: oxalic acid.",
    "eh40": "EH40/2005 Workplace exposure limits (UK).",
    "clp": "CLP Regulation (EC) 1272/2008: oxalic acid H302, H312 (harmonised); H318 by suppliers (second-hand).",
    "en143": "EN 143 and EN 14387: respiratory protective devices, particle and gas filters.",
    "gumpp": (
        "Gumpp T., Drysch K., Radjaipour M. & Dartsch P. C.: workplace measurement of oxalic acid vapour in beekeeping."
    ),
    "vmr2013": (
        "The Veterinary Medicines Regulations 2013 (SI 2013/2033), regulations 17 and 19, text of 1 October 2013; the "
        "list of contents of the amendments of 2024 (SI 2024/567, Great Britain only) names regulations 18, 21 to "
        "23 and a new 24A among the records, not 17, 19 or 20."
    ),
    "eu2019_6": "Regulation (EU) 2019/6 on veterinary medicinal products, Article 108.",
    "si2021_421": (
        "The Bee Diseases and Pests Control Orders as amended in 2021 (England SI 2021/420, Wales WSI 2021/351)."
    ),
    "uk_poisons": "Explosives precursors and poisons: licensing and reporting (UK government page, 2024).",
    "powder_spc2015": (
        "Summary of product characteristics (2015) of an authorised oxalic acid powder, 886 mg dihydrate per g."
    ),
    "beaufort": "Beaufort scale of wind force, World Meteorological Organization, Manual on Codes, code table 1100.",
    "rfc5545": "RFC 5545: Internet Calendaring and Scheduling Core Object Specification (iCalendar).",
    "wcag21": "W3C Web Content Accessibility Guidelines 2.1, 1.4.3 and 1.4.11.",
    "okabe_ito": "Okabe M. & Ito K. (2008) Color universal design.",
}
"""Full text by key, in the order of use."""
