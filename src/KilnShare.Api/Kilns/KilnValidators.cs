using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Api.Pieces;
using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;

namespace KilnShare.Api.Kilns;

internal sealed class ChamberValidator : AbstractValidator<ChamberContract>
{
    public ChamberValidator()
    {
        RuleFor(c => c.Footprint).SetValidator(new ShapeValidator());
        RuleFor(c => c.HeightMm).Within(Length.OfMm(1), PieceLimits.MaxSide);
        RuleFor(c => c.WallClearanceMm).Within(Length.Zero, PieceLimits.MaxSide);
        RuleFor(c => c.LidClearanceMm).Within(Length.Zero, PieceLimits.MaxSide);
    }
}

internal sealed class FurnitureValidator : AbstractValidator<FurnitureContract>
{
    private const int MostKinds = 50;
    private const int MostPosts = 1000;

    public FurnitureValidator()
    {
        RuleFor(f => f.Shelves).AtMost(MostKinds);
        RuleFor(f => f.Posts).AtMost(MostKinds);
        RuleForEach(f => f.Shelves).ChildRules(shelf =>
        {
            shelf.RuleFor(s => s.Id).Line(40);
            shelf.RuleFor(s => s.Footprint).SetValidator(new ShapeValidator());
            shelf.RuleFor(s => s.ThicknessMm).Within(Length.OfMm(1), Length.OfMm(200));
            shelf.RuleFor(s => s.Count).InclusiveBetween(1, 200).WithMessage("Takes a count from 1 to 200.");
            shelf.RuleFor(s => s.MassG).Within(0.001m, 500_000m, 3);
        });
        RuleForEach(f => f.Posts).ChildRules(post =>
        {
            post.RuleFor(p => p.HeightMm).Within(Length.OfMm(1), PieceLimits.MaxSide);
            post.RuleFor(p => p.Count).InclusiveBetween(0, MostPosts).WithMessage($"Takes a count from 0 to {MostPosts}.");
        });
        RuleFor(f => f.PostDiameterMm).Within(Length.Zero, Length.OfMm(300));
        RuleFor(f => f.PostInsetMm).Within(Length.Zero, Length.OfMm(1000));
    }
}

internal sealed class SpacingValidator : AbstractValidator<SpacingContract>
{
    public SpacingValidator()
    {
        RuleFor(s => s.GapMm).Within(Length.Zero, Length.OfMm(500));
        RuleFor(s => s.HeadroomMm).Within(Length.Zero, Length.OfMm(500));
        RuleFor(s => s.ShelfGapMm).Within(Length.Zero, Length.OfMm(500));
    }
}

internal sealed class KilnValidator : AbstractValidator<KilnBody>
{
    private const long MaxMinor = 1_000_000_000_000;

    public KilnValidator()
    {
        RuleFor(k => k.Name).Name();
        RuleFor(k => k.Chamber).SetValidator(new ChamberValidator());
        RuleFor(k => k.Furniture).SetValidator(new FurnitureValidator());
        RuleFor(k => k.Spacing).SetValidator(new SpacingValidator());
        RuleFor(k => k.KeepOuts).AtMost(LoadLimits.MaxKeepOuts);
        RuleForEach(k => k.KeepOuts).ChildRules(k => k.RuleFor(x => x.Footprint).SetValidator(new ShapeValidator()));
        RuleFor(k => k.RatedKw).Within(0.1m, 1000m, 3);
        RuleFor(k => k.WearMinor).InclusiveBetween(0, MaxMinor).WithMessage($"Takes minor units from 0 to {MaxMinor}.");
        RuleFor(k => k.MassLimitG).Within(1m, 100_000_000m, 3);
    }
}
