namespace KilnShare.Core.Costs;

/// <summary>Why a member's part is what it is, in a sentence a member can read.</summary>
public static class SplitReasons
{
    /// <summary>The name of a basis as it is written in requests.</summary>
    public static string Name(CostBasis basis) => basis switch
    {
        CostBasis.Equal => "equal",
        CostBasis.Pieces => "pieces",
        CostBasis.Footprint => "footprint",
        CostBasis.Volume => "volume",
        CostBasis.Mass => "mass",
        CostBasis.LevelHeight => "levelHeight",
        CostBasis.Kwh => "kwh",
        _ => "direct",
    };

    /// <summary>How a part with that basis is divided.</summary>
    public static string Sentence(CostBasis basis) => basis switch
    {
        CostBasis.Equal => "Everyone who fired pays the same.",
        CostBasis.Pieces => "Divided by the number of pieces each of you had in the kiln.",
        CostBasis.Footprint => "Divided by the shelf area your pieces stood on.",
        CostBasis.Volume => "Divided by the room each piece needs with its gap and headroom, wherever it stood.",
        CostBasis.Mass => "Divided by the weight of your ware.",
        CostBasis.LevelHeight => "Each shelf is paid by the height it had to have: every step of height is shared by those whose pieces needed it.",
        CostBasis.Kwh => "You pay the energy it took to heat your own ware, and of the energy for kiln and shelves a part by volume.",
        _ => "This was used for your ware alone.",
    };

    /// <summary>Why there is a part called minimum.</summary>
    public static string MinimumSentence =>
        "A firing has a least charge per member: those below it are raised to it, and the others pay that much less.";

    /// <summary>Why the studio pays a share.</summary>
    public static string StudioSentence => "The studio pays for the room that nobody used.";
}
